"""The school's calendar"""

import sqlalchemy as sa
import sqlmodel
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "feed_entry",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("key", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("why", sqlmodel.sql.sqltypes.AutoString(length=80), nullable=False),
        sa.Column("sure", sa.Boolean(), nullable=False),
        sa.Column("state", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.CheckConstraint(
            "state IN ('taken', 'unsure', 'dropped')", name=op.f("ck_feed_entry_state")
        ),
        sa.CheckConstraint("first_day <= last_day", name=op.f("ck_feed_entry_span")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_feed_entry_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "key", name=op.f("pk_feed_entry")),
    )
    op.create_table(
        "feed",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("url", sqlmodel.sql.sqltypes.AutoString(length=2000), nullable=False),
        sa.Column("set_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("etag", sqlmodel.sql.sqltypes.AutoString(length=200), nullable=False),
        sa.Column("last_modified", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("next_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("read_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("read_to", sa.Date(), nullable=True),
        sa.Column("trouble", sqlmodel.sql.sqltypes.AutoString(length=20), nullable=False),
        sa.Column("told_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "set_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_feed_club_id_set_by_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_feed_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_feed")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_feed_club_id_id")),
    )
    with op.batch_alter_table("feed", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_feed_club_id"), ["club_id"], unique=False)
        batch_op.create_index("ix_feed_next_at", ["next_at"], unique=False)

    with op.batch_alter_table("closure", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("feed_key", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=True)
        )


def downgrade() -> None:
    with op.batch_alter_table("closure", schema=None) as batch_op:
        batch_op.drop_column("feed_key")

    with op.batch_alter_table("feed", schema=None) as batch_op:
        batch_op.drop_index("ix_feed_next_at")
        batch_op.drop_index(batch_op.f("ix_feed_club_id"))

    op.drop_table("feed")
    op.drop_table("feed_entry")
