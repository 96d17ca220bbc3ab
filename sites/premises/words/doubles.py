"""Words about premises with the same supply number or address."""


def words_of(by_number: bool) -> str:
    """What two premises have in common, after the name of the other one."""
    return f"has the same {'MPAN' if by_number else 'address'}"
