"""What a book asks for: its plan, house styles and the signs of a house."""
