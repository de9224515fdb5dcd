"""Reports that providers, authorities and landowners ask for: drafted, proved, issued, sent, shared."""
