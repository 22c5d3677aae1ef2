"""Pictures: what a screen shows."""
