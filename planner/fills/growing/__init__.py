"""The growing engine: one pocket of bare spine in, its shapes out."""
