"""Sampling sites, their boundaries through time, owners and designations."""
