"""The files of the legal file: received, checked by their content, kept, drawn as pages and read for their text."""
