"""Every page of the URL map with real things of the demo book in it."""

from socktrade.bench.kit.addresses import addresses, samples

__all__ = ["addresses", "samples"]
