"""Pages as pictures that we drew ourselves: a browser never gets the file that was received, nor anything out of it.

All pictures are PNG. Pages of permits are text, stamps and lines, which it keeps sharp and small: a grey page of text
900 pixels wide is some 20 kB. A photograph is two to three times the size of a JPEG, which a house network bears more
easily than two formats at one address.

``rendering`` and ``sizes`` know no Django: they run in a process of their own.
"""
