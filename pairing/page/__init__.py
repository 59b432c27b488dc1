"""The page at the counter: the commands' own reports behind plain forms, on this machine."""
