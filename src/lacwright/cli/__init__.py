"""To be named."""
