"""The use cases: gather the files, calculate, keep what was made. No rule of the trade lives here."""
