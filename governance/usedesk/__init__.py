"""The use desk: what may be done with material, who asked for it, what was done, and what became of it."""
