"""Amounts of an account as they are told: money, volumes, standard deviations, means of heights."""

from gradevol.answer.reconciled import Reconciled


def say_amount(amount: float, done: Reconciled) -> str:
    """Say money in the job's currency: ``$118``, ``-$12``."""
    currency = done.costs.currency if done.costs else ""
    sign = "-" if round(amount) < 0 else ""
    return f"{sign}{currency}{abs(amount):,.0f}"


def say_sigma(sigma: float, done: Reconciled) -> str:
    """Say a standard deviation without a unit, to the hundredth; nothing of what is exact."""
    return f"±{done.units.to_volume(sigma):.2f}" if sigma else ""


def say_mean(metres: float, done: Reconciled) -> str:
    """Say a mean of many heights: finer than one shot is booked."""
    if done.units.is_metric:
        return f"{metres * 1000:z.1f} mm"
    return f"{done.units.to_length(metres):z.3f} ft"
