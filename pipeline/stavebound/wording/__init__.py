"""Words: names as a school prints them, and the sentences a book makes of a score."""
