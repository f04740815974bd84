"""What every other room may use: packages that are optional, the classes that finished work arrives in, what they offer."""
