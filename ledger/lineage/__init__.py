"""Maths on parent tables: order, kinship, inbreeding; knows no bird and no screen."""
