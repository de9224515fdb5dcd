"""The demo: the register of the invented Lindmark Museum of Natural History, built from ``fixtures/``.

``build`` enters everything through the actions of the rooms, as people would; ``mark`` keeps the demo away from
databases that hold something else.
"""
