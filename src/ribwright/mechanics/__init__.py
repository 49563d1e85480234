"""Formulas from papers and handbooks: arrays in, arrays out; mm, MPa, degrees outside a formula."""
