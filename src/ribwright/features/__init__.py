"""The kinds of edges and holes a part is made of."""
