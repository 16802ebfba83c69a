"""Truth tests: the engine against published worked examples, tables and closed forms."""
