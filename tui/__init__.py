"""The Textual interface of starcover: it shows what the engine says and decides nothing itself."""
