"""What the help pages are made of: explanations in words, and worked examples made from the tables of cases."""
