"""The page: a server on this machine over the same use cases as the command line."""
