"""What people type about papers."""
