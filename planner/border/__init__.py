"""The border: its band, its runs of circles, the spine through them, and how far it reaches."""
