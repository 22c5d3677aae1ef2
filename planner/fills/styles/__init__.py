"""The fills, one file each."""
