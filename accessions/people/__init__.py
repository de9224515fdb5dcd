"""People who use the register, and the people and organisations it speaks of."""
