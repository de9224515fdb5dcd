"""Answers as files: CSV, XLSX, DOCX, each with how it was asked."""
