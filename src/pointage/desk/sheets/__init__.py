"""Paper: each kind of sheet in a file, made of what the other rooms of the desk answer."""
