"""Chalk: where each circle stands on her ruler, and the steps that say so."""
