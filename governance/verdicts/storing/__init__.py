"""What a run writes: outcomes and rulings by their content, results in slices, and at the end what stands."""
