"""How things are said and drawn, once for every face and paper."""
