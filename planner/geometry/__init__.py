"""Geometry: curves, polylines and points, with no word of a quilt."""
