"""Files of specimens in: CSV, TSV, XLSX, ODS and Darwin Core archives become rows of text."""

from accessions.intake.problems import FileProblems, Problem

__all__ = ["FileProblems", "Problem"]
