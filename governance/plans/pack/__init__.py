"""The field pack: what the team carries, on paper or on a phone, in the language of the plan.

``contents`` makes it from a check and the papers, as blocks in words; ``docx_file`` and the page draw the same blocks.
Words stand in ``words/*.yaml``, one file a language; figures of law and standards in ``cautions.yaml``.
"""
