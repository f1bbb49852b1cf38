"""Orders of invented figures."""


# small pours


def remaining_by_counting(left, pours):
    for pour in pours:
        if pour.is_partial:
            left -= min(left, pour.volume * pour.count)
        else:
            left -= min(pour.count, int(left / pour.volume)) * pour.volume
    return left
