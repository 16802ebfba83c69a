"""Everything that knows Qt and pyqtgraph; nothing else may import them."""
