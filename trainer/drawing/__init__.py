"""Symbols, layout, draw list and SVG: pictures as data, without Qt."""
