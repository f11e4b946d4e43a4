"""The whole knowledge as a book: linked pages of HTML, and one Markdown file."""
