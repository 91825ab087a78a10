"""Parts and spares: the books, what fills a gap, what to order, and what a scale can tell."""
