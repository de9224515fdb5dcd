"""The terms sheet that travels with material: what may be done with it, in the words of the papers, and the list."""
