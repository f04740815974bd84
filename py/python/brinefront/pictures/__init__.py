"""Pictures of results, one a file; :mod:`brinefront.plot` names the public ones.

Colours are in ``palette``, sizes of type and lines in ``style``, a cycle cut into its steps in ``passage``.
"""
