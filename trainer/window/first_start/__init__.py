"""The first page: three doors into something alive."""
