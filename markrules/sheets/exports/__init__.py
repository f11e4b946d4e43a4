"""A piece in open standards: schema.org, Linked Art, Dublin Core, EDTF, and rows of a table."""
