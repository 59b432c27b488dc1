"""What is known and from where: every table, name and source."""
