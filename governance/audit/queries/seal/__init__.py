"""The seal checked: the chain, rows without an entry, records against their history, verdicts, files, kept heads."""
