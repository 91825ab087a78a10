"""Indexes for long histories: a team's last booking, one deed's entries, what happened lately"""

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("ix_booking_team", "booking", ["club_id", "team_id", "starts"])
    op.create_index("ix_entry_deed", "entry", ["club_id", "deed"])
    op.create_index("ix_entry_happened_at", "entry", ["club_id", "happened_at"])


def downgrade() -> None:
    op.drop_index("ix_entry_happened_at", "entry")
    op.drop_index("ix_entry_deed", "entry")
    op.drop_index("ix_booking_team", "booking")
