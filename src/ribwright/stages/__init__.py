"""The trade in order: each stage imports only earlier ones."""
