"""Reports in writing: from contents without words to the page, the document and the workbook, in a language."""
