"""The work pack: compose documents and drawings from a finished plan and write them."""
