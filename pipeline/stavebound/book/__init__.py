"""The book: chapters, contents, key and glossary, as semantic HTML."""
