"""Inputs of a page: fields made from the registry, kept in the address, each with its sentence below it."""
