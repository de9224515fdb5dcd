"""The audit: questions answered with their rows, on two clocks; histories, the seal, evidence, keeping."""
