"""The edges: files in, files out. Each reader or writer is one file here."""
