"""The pumps' oil followed through a rig: its path now, why it does not go elsewhere, and questions about it."""

from trainer.tracing.path import LEAST, OilPath, PathPlace, PathStep, Way, lit_by, sharing, trace

__all__ = ["LEAST", "OilPath", "PathPlace", "PathStep", "Way", "lit_by", "sharing", "trace"]
