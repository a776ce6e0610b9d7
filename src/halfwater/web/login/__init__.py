"""The door: the owner's password when served beyond this machine."""
