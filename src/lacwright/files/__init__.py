"""Files to model types and back; the only room that knows pydantic.

piece: `read_piece` (a piece file); own: `read_hand`, `with_hand` (the maker's own figures); parts:
`read_parts`; recipe: recipes to match; toml: `load_toml`. Modules are imported by their own name,
so that a command pays for the one it needs.
"""
