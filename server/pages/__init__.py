"""The pages, one file each; what two of them need stands beneath both."""
