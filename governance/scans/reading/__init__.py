"""The words of scans: read from what a file says itself, or recognised in its pictures.

What opens files from strangers (``child`` and what it imports) knows no Django and runs in a process of its own.
"""
