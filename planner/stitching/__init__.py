"""The order of stitching: one continuous line for as long as it can be."""
