"""The caution that stands wherever a verdict is shown (VERDICTS, section 9)."""

CAUTION = (
    "A verdict compares records with the papers on file. It is no legal advice and no finding of an offence. "
    "National and local law, the issuing authority and the institution's own legal office decide."
)
