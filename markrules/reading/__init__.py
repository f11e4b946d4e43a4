"""Reading a piece: note, marks, numbers and engine put together into one answer."""
