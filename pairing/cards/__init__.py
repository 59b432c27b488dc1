"""Every document and every rendering of it."""
