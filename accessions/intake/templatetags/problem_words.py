"""What is wrong with a file, in templates: ``{{ problem.found|said_problem }}``, ``{{ problem.where|said_place }}``."""

from __future__ import annotations

from django import template

from accessions.intake.problem_words import said_place, said_problem

register = template.Library()
register.filter(said_problem)
register.filter(said_place)
