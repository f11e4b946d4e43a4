"""What a person does, once for every face: enter, look, read, appraise, find, import, export."""
