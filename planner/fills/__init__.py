"""Fills: real geometry grown from the spine, one file a fill over one growing engine."""
