"""Tables of the stores: columns, the lists made of them, and what narrows a list."""
