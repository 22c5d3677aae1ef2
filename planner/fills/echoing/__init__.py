"""The lines of echo: exact arcs round whole discs, joined into one net."""
