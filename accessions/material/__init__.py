"""Accessions, deliveries, sampling events, specimens, lots and parts."""
