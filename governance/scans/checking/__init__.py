"""The check of what is received: the kind is found in the content, and the content must be sound.

``check.check_content`` is its face. What takes content apart runs in a process of its own
(``governance.scans.confined``), and imports no Django: so nothing is imported here.
"""
