"""The pages of a round: a reviewer's own, behind a link, and headquarters'."""
