"""Field plans: where, when, how and by whom material will be taken, and whether papers cover it before they leave."""
