"""What goes on paper, in words without a format: packs of field plans, terms sheets. As a page and as a DOCX."""
