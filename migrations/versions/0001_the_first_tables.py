"""The first tables"""

import sqlalchemy as sa
import sqlmodel
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bot",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("username", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("seen_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bot")),
    )
    op.create_table(
        "club",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=80), nullable=False),
        sa.Column("zone", sqlmodel.sql.sqltypes.AutoString(length=64), nullable=False),
        sa.Column("version", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("last_seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("settings", sa.JSON(), nullable=False),
        sa.Column("created_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_club")),
    )
    op.create_table(
        "code_try",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "telegram_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_code_try")),
    )
    with op.batch_alter_table("code_try", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_code_try_telegram_id"), ["telegram_id"], unique=False)

    op.create_table(
        "dialogue",
        sa.Column("chat_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "telegram_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("step", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.PrimaryKeyConstraint("chat_id", "telegram_id", name=op.f("pk_dialogue")),
    )
    op.create_table(
        "handled_update",
        sa.Column("bot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "update_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("bot_id", "update_id", name=op.f("pk_handled_update")),
    )
    with op.batch_alter_table("handled_update", schema=None) as batch_op:
        batch_op.create_index("ix_handled_update_at", ["at"], unique=False)

    op.create_table(
        "inbox",
        sa.Column("bot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "update_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("chat", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("received_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("bot_id", "update_id", name=op.f("pk_inbox")),
    )
    op.create_table(
        "closure",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("why", sqlmodel.sql.sqltypes.AutoString(length=80), nullable=False),
        sa.CheckConstraint("first_day <= last_day", name=op.f("ck_closure_span")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_closure_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closure")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_closure_club_id_id")),
    )
    with op.batch_alter_table("closure", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_closure_club_id"), ["club_id"], unique=False)

    op.create_table(
        "session_move",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.Time(), nullable=False),
        sa.Column("to_day", sa.Date(), nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.CheckConstraint("starts < ends", name=op.f("ck_session_move_span")),
        sa.ForeignKeyConstraint(
            ["club_id"], ["club.id"], name=op.f("fk_session_move_club_id_club")
        ),
        sa.PrimaryKeyConstraint("club_id", "day", "at", name=op.f("pk_session_move")),
    )
    op.create_table(
        "group_chat",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("chat_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("title", sqlmodel.sql.sqltypes.AutoString(length=140), nullable=False),
        sa.Column("linked_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("removed_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("topic", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("announces", sa.Boolean(), nullable=False),
        sa.Column("read_agreed_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_group_chat_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_group_chat")),
        sa.UniqueConstraint("chat_id", name=op.f("uq_group_chat_chat_id")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_group_chat_club_id_id")),
    )
    with op.batch_alter_table("group_chat", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_group_chat_club_id"), ["club_id"], unique=False)

    op.create_table(
        "invitation",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("code_hash", sqlmodel.sql.sqltypes.AutoString(length=64), nullable=False),
        sa.Column("role", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column("expires_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("uses_left", sa.Integer(), nullable=False),
        sa.CheckConstraint("uses_left >= 0", name=op.f("ck_invitation_uses")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_invitation_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitation")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_invitation_club_id_id")),
        sa.UniqueConstraint("code_hash", name=op.f("uq_invitation_code_hash")),
    )
    with op.batch_alter_table("invitation", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_invitation_club_id"), ["club_id"], unique=False)

    op.create_table(
        "item",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("serial", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("price_cents", sa.Integer(), nullable=True),
        sa.Column("bought_on", sa.Date(), nullable=True),
        sa.Column("warranty_until", sa.Date(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('unit', 'battery', 'tablet', 'charger')", name=op.f("ck_item_kind")
        ),
        sa.CheckConstraint("price_cents >= 0", name=op.f("ck_item_price")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_item_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_item")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_item_club_id_id")),
    )
    with op.batch_alter_table("item", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_item_club_id"), ["club_id"], unique=False)

    op.create_table(
        "kit_type",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("run_minutes", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_kit_type_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit_type")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_kit_type_club_id_id")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_kit_type_club_id_name")),
    )
    with op.batch_alter_table("kit_type", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_kit_type_club_id"), ["club_id"], unique=False)

    op.create_table(
        "knock",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "telegram_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("role", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_knock_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_knock")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_knock_club_id_id")),
        sa.UniqueConstraint("club_id", "telegram_id", name=op.f("uq_knock_club_id_telegram_id")),
    )
    with op.batch_alter_table("knock", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_knock_club_id"), ["club_id"], unique=False)

    op.create_table(
        "person",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "telegram_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("role", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column("joined_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("chosen_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("unreachable_since", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("left_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.CheckConstraint(
            "role IN ('leader', 'co-leader', 'helper', 'student', 'door phone', 'stranger')",
            name=op.f("ck_person_role"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_person_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_person_club_id_id")),
        sa.UniqueConstraint("club_id", "telegram_id", name=op.f("uq_person_club_id_telegram_id")),
    )
    with op.batch_alter_table("person", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_person_club_id"), ["club_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_person_telegram_id"), ["telegram_id"], unique=False)

    op.create_table(
        "absence",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column(
            "acting_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("starts_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("ends_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "acting_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_absence_club_id_acting_id_person"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_absence_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_absence_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_absence")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_absence_club_id_id")),
    )
    with op.batch_alter_table("absence", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_absence_club_id"), ["club_id"], unique=False)

    op.create_table(
        "announcement",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("group_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=24), nullable=False),
        sa.Column("occurrence", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("due_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("useful_until", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("state", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("lease_until", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("sent_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.CheckConstraint(
            "state IN ('waiting', 'sending', 'sent', 'unknown', 'dropped', 'gone')",
            name=op.f("ck_announcement_state"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "group_id"],
            ["group_chat.club_id", "group_chat.id"],
            name=op.f("fk_announcement_club_id_group_id_group_chat"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id"], ["club.id"], name=op.f("fk_announcement_club_id_club")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_announcement")),
        sa.UniqueConstraint(
            "club_id",
            "group_id",
            "kind",
            "occurrence",
            name=op.f("uq_announcement_club_id_group_id_kind_occurrence"),
        ),
    )
    with op.batch_alter_table("announcement", schema=None) as batch_op:
        batch_op.create_index("ix_announcement_owed", ["state", "due_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_announcement_club_id"), ["club_id"], unique=False)

    op.create_table(
        "place",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_place_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_place_club_id_id")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_place_club_id_name")),
    )
    with op.batch_alter_table("place", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_place_club_id"), ["club_id"], unique=False)

    op.create_table(
        "charger",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("bays", sa.Integer(), nullable=False),
        sa.Column("place_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("bays > 0", name=op.f("ck_charger_bays")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_charger_club_id_club")),
        sa.ForeignKeyConstraint(
            ["club_id", "place_id"],
            ["place.club_id", "place.id"],
            name=op.f("fk_charger_club_id_place_id_place"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_charger")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_charger_club_id_id")),
    )
    with op.batch_alter_table("charger", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_charger_club_id"), ["club_id"], unique=False)

    op.create_table(
        "position",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("subject", sqlmodel.sql.sqltypes.AutoString(length=4), nullable=False),
        sa.Column(
            "subject_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("team_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "booking_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("out_since", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("due", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("said_back_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("held", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=True),
        sa.Column("withdrawn", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=True),
        sa.Column("lost", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=True),
        sa.Column("scrapped", sa.Boolean(), nullable=False),
        sa.Column("charged_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("missing", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("counted_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("short_minutes", sa.Integer(), nullable=True),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("last_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("last_seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.CheckConstraint("subject IN ('kit', 'item')", name=op.f("ck_position_subject")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_position_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "subject", "subject_id", name=op.f("pk_position")),
    )
    with op.batch_alter_table("position", schema=None) as batch_op:
        batch_op.create_index("ix_position_due", ["club_id", "due"], unique=False)

    op.create_table(
        "resource",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.CheckConstraint("number >= 0", name=op.f("ck_resource_number")),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_resource_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_resource")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_resource_club_id_id")),
        sa.UniqueConstraint("club_id", "name", name=op.f("uq_resource_club_id_name")),
    )
    with op.batch_alter_table("resource", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_resource_club_id"), ["club_id"], unique=False)

    op.create_table(
        "supervised_hours",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.CheckConstraint("starts < ends", name=op.f("ck_supervised_hours_span")),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_supervised_hours_weekday")),
        sa.ForeignKeyConstraint(
            ["club_id"], ["club.id"], name=op.f("fk_supervised_hours_club_id_club")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_supervised_hours")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_supervised_hours_club_id_id")),
    )
    with op.batch_alter_table("supervised_hours", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_supervised_hours_club_id"), ["club_id"], unique=False)

    op.create_table(
        "kit",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("label", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column(
            "kit_type_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("place_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("gives", sa.Integer(), nullable=True),
        sa.Column("gives_seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_type_id"],
            ["kit_type.club_id", "kit_type.id"],
            name=op.f("fk_kit_club_id_kit_type_id_kit_type"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "place_id"],
            ["place.club_id", "place.id"],
            name=op.f("fk_kit_club_id_place_id_place"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_kit_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_kit_club_id_id")),
        sa.UniqueConstraint("club_id", "label", name=op.f("uq_kit_club_id_label")),
    )
    with op.batch_alter_table("kit", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_kit_club_id"), ["club_id"], unique=False)

    op.create_table(
        "meeting",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.Column("adult_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("starts < ends", name=op.f("ck_meeting_span")),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_meeting_weekday")),
        sa.ForeignKeyConstraint(
            ["club_id", "adult_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_meeting_club_id_adult_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_meeting_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_meeting")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_meeting_club_id_id")),
    )
    with op.batch_alter_table("meeting", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_meeting_club_id"), ["club_id"], unique=False)

    op.create_table(
        "notice",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=24), nullable=False),
        sa.Column("subject", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("occurrence", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("due_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("send_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("useful_until", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("urgent", sa.Boolean(), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("state", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("lease_until", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("sent_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column(
            "message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("answer", sqlmodel.sql.sqltypes.AutoString(length=20), nullable=True),
        sa.Column("answered_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.CheckConstraint(
            "state IN ('waiting', 'sending', 'sent', 'unknown', 'dropped', 'gone')",
            name=op.f("ck_notice_state"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_notice_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_notice_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notice")),
        sa.UniqueConstraint(
            "club_id",
            "kind",
            "subject",
            "occurrence",
            "person_id",
            name=op.f("uq_notice_club_id_kind_subject_occurrence_person_id"),
        ),
    )
    with op.batch_alter_table("notice", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_notice_club_id"), ["club_id"], unique=False)
        batch_op.create_index("ix_notice_owed", ["state", "send_at"], unique=False)
        batch_op.create_index("ix_notice_person", ["club_id", "person_id", "kind"], unique=False)

    op.create_table(
        "part",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "kit_type_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("big", sa.Boolean(), nullable=False),
        sa.Column("essential", sa.Boolean(), nullable=False),
        sa.Column("tray", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("compartment", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=True),
        sa.Column("weight_mg", sa.Integer(), nullable=True),
        sa.Column("spread_mg", sa.Integer(), nullable=True),
        sa.Column("pack", sa.Integer(), nullable=True),
        sa.Column("price_cents", sa.Integer(), nullable=True),
        sa.CheckConstraint("number > 0", name=op.f("ck_part_number")),
        sa.CheckConstraint("pack > 0", name=op.f("ck_part_pack")),
        sa.CheckConstraint("price_cents >= 0", name=op.f("ck_part_price")),
        sa.CheckConstraint("spread_mg >= 0", name=op.f("ck_part_spread")),
        sa.CheckConstraint("weight_mg > 0", name=op.f("ck_part_weight")),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_type_id"],
            ["kit_type.club_id", "kit_type.id"],
            name=op.f("fk_part_club_id_kit_type_id_kit_type"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_part_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_part_club_id_id")),
        sa.UniqueConstraint(
            "club_id", "kit_type_id", "name", name=op.f("uq_part_club_id_kit_type_id_name")
        ),
    )
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_club_id"), ["club_id"], unique=False)

    op.create_table(
        "team",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("adult_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("same_kit", sa.Boolean(), nullable=False),
        sa.Column("removed_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "adult_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_team_club_id_adult_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_team_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_team")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_team_club_id_id")),
    )
    with op.batch_alter_table("team", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_team_club_id"), ["club_id"], unique=False)
        batch_op.create_index("uq_team_name", ["club_id", "name"], unique=True)

    op.create_table(
        "booking",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("team_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "kit_type_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kits", sa.Integer(), nullable=False),
        sa.Column("starts", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("ends", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("booked_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("booked_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("cancelled_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("ended_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("series", sa.Integer(), nullable=True),
        sa.Column("offered_until", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.CheckConstraint("kind IN ('use', 'keep', 'offer')", name=op.f("ck_booking_kind")),
        sa.CheckConstraint("kits > 0", name=op.f("ck_booking_kits")),
        sa.CheckConstraint("starts < ends", name=op.f("ck_booking_span")),
        sa.ForeignKeyConstraint(
            ["club_id", "booked_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_booking_club_id_booked_by_person"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_type_id"],
            ["kit_type.club_id", "kit_type.id"],
            name=op.f("fk_booking_club_id_kit_type_id_kit_type"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "team_id"],
            ["team.club_id", "team.id"],
            name=op.f("fk_booking_club_id_team_id_team"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_booking_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_booking")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_booking_club_id_id")),
        sa.UniqueConstraint("club_id", "number", name=op.f("uq_booking_club_id_number")),
    )
    with op.batch_alter_table("booking", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_booking_club_id"), ["club_id"], unique=False)
        batch_op.create_index("ix_booking_live", ["club_id", "ends"], unique=False)
        batch_op.create_index("ix_booking_series", ["club_id", "series"], unique=False)

    op.create_table(
        "entry",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=20), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("happened_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("said_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("said_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("deed", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("item_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "kit_type_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("payload", sa.JSON(), nullable=False),
        sa.Column("cancels", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "cancels"],
            ["entry.club_id", "entry.seq"],
            name=op.f("fk_entry_club_id_cancels_entry"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "item_id"],
            ["item.club_id", "item.id"],
            name=op.f("fk_entry_club_id_item_id_item"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_entry_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_type_id"],
            ["kit_type.club_id", "kit_type.id"],
            name=op.f("fk_entry_club_id_kit_type_id_kit_type"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "said_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_entry_club_id_said_by_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_entry_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "seq", name=op.f("pk_entry")),
    )
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.create_index("ix_entry_cancels", ["club_id", "cancels"], unique=False)
        batch_op.create_index(
            "ix_entry_item", ["club_id", "item_id", "happened_at", "seq"], unique=False
        )
        batch_op.create_index(
            "ix_entry_kit", ["club_id", "kit_id", "happened_at", "seq"], unique=False
        )
        batch_op.create_index("ix_entry_said_by", ["club_id", "said_by", "seq"], unique=False)

    op.create_table(
        "fault",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("item_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("symptom", sqlmodel.sql.sqltypes.AutoString(length=20), nullable=False),
        sa.Column("danger", sa.Boolean(), nullable=False),
        sa.Column("said", sqlmodel.sql.sqltypes.AutoString(length=600), nullable=False),
        sa.Column("state", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column(
            "reported_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("reported_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("closed_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("fix", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=False),
        sa.Column("cause", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("watched", sa.Boolean(), nullable=False),
        sa.Column("deed", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("mistaken", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "state IN ('open', 'at the supplier', 'closed')", name=op.f("ck_fault_state")
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "item_id"],
            ["item.club_id", "item.id"],
            name=op.f("fk_fault_club_id_item_id_item"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_fault_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "reported_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_fault_club_id_reported_by_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_fault_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fault")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_fault_club_id_id")),
        sa.UniqueConstraint("club_id", "number", name=op.f("uq_fault_club_id_number")),
    )
    with op.batch_alter_table("fault", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fault_club_id"), ["club_id"], unique=False)
        batch_op.create_index("ix_fault_open", ["club_id", "state", "kit_id"], unique=False)

    op.create_table(
        "team_member",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("team_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_team_member_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "team_id"],
            ["team.club_id", "team.id"],
            name=op.f("fk_team_member_club_id_team_id_team"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_team_member_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "team_id", "person_id", name=op.f("pk_team_member")),
    )
    op.create_table(
        "booking_kit",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "booking_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("named", sa.Boolean(), nullable=False),
        sa.Column("told_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "booking_id"],
            ["booking.club_id", "booking.id"],
            name=op.f("fk_booking_kit_club_id_booking_id_booking"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_booking_kit_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_booking_kit_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "booking_id", "kit_id", name=op.f("pk_booking_kit")),
    )
    with op.batch_alter_table("booking_kit", schema=None) as batch_op:
        batch_op.create_index("ix_booking_kit_kit", ["club_id", "kit_id"], unique=False)

    op.create_table(
        "owed_swap",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "booking_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("named", sa.Boolean(), nullable=False),
        sa.Column("why", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "booking_id"],
            ["booking.club_id", "booking.id"],
            name=op.f("fk_owed_swap_club_id_booking_id_booking"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_owed_swap_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_owed_swap_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "booking_id", "kit_id", name=op.f("pk_owed_swap")),
    )
    op.create_table(
        "booking_resource",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "booking_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column(
            "resource_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.CheckConstraint("number > 0", name=op.f("ck_booking_resource_number")),
        sa.ForeignKeyConstraint(
            ["club_id", "booking_id"],
            ["booking.club_id", "booking.id"],
            name=op.f("fk_booking_resource_club_id_booking_id_booking"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "resource_id"],
            ["resource.club_id", "resource.id"],
            name=op.f("fk_booking_resource_club_id_resource_id_resource"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id"], ["club.id"], name=op.f("fk_booking_resource_club_id_club")
        ),
        sa.PrimaryKeyConstraint(
            "club_id", "booking_id", "resource_id", name=op.f("pk_booking_resource")
        ),
    )
    op.create_table(
        "fault_photo",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("fault_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("file_id", sqlmodel.sql.sqltypes.AutoString(length=200), nullable=False),
        sa.Column("file_unique_id", sqlmodel.sql.sqltypes.AutoString(length=60), nullable=False),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=10), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("still_id", sqlmodel.sql.sqltypes.AutoString(length=200), nullable=False),
        sa.Column("looked_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "fault_id"],
            ["fault.club_id", "fault.id"],
            name=op.f("fk_fault_photo_club_id_fault_id_fault"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_fault_photo_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fault_photo")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_fault_photo_club_id_id")),
        sa.UniqueConstraint(
            "club_id",
            "fault_id",
            "file_unique_id",
            name=op.f("uq_fault_photo_club_id_fault_id_file_unique_id"),
        ),
    )
    with op.batch_alter_table("fault_photo", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fault_photo_club_id"), ["club_id"], unique=False)

    op.create_table(
        "fault_check",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("fault_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("code", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("outcome", sqlmodel.sql.sqltypes.AutoString(length=6), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.CheckConstraint(
            "outcome IN ('worked', 'same', 'cant')", name=op.f("ck_fault_check_outcome")
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "fault_id"],
            ["fault.club_id", "fault.id"],
            name=op.f("fk_fault_check_club_id_fault_id_fault"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_fault_check_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fault_check")),
        sa.UniqueConstraint(
            "club_id", "fault_id", "code", name=op.f("uq_fault_check_club_id_fault_id_code")
        ),
    )
    with op.batch_alter_table("fault_check", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fault_check_club_id"), ["club_id"], unique=False)

    op.create_table(
        "fault_copy",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("photo_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "photo_id"],
            ["fault_photo.club_id", "fault_photo.id"],
            name=op.f("fk_fault_copy_club_id_photo_id_fault_photo"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_fault_copy_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fault_copy")),
        sa.UniqueConstraint("club_id", "photo_id", name=op.f("uq_fault_copy_club_id_photo_id")),
    )
    with op.batch_alter_table("fault_copy", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fault_copy_club_id"), ["club_id"], unique=False)

    op.create_table(
        "fault_step",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("fault_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("what", sqlmodel.sql.sqltypes.AutoString(length=20), nullable=False),
        sa.Column("note", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "fault_id"],
            ["fault.club_id", "fault.id"],
            name=op.f("fk_fault_step_club_id_fault_id_fault"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_fault_step_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fault_step")),
    )
    with op.batch_alter_table("fault_step", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fault_step_club_id"), ["club_id"], unique=False)
        batch_op.create_index("ix_fault_step_fault", ["club_id", "fault_id"], unique=False)

    op.create_table(
        "claim",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("fault_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("item_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("sent_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("promised_on", sa.Date(), nullable=True),
        sa.Column("ended_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("outcome", sqlmodel.sql.sqltypes.AutoString(length=10), nullable=False),
        sa.Column("note", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=False),
        sa.CheckConstraint(
            "outcome IN ('', 'repaired', 'replaced', 'refused')", name=op.f("ck_claim_outcome")
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "fault_id"],
            ["fault.club_id", "fault.id"],
            name=op.f("fk_claim_club_id_fault_id_fault"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "item_id"],
            ["item.club_id", "item.id"],
            name=op.f("fk_claim_club_id_item_id_item"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_claim_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_claim")),
    )
    with op.batch_alter_table("claim", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_claim_club_id"), ["club_id"], unique=False)

    op.create_table(
        "own_word",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("code", sqlmodel.sql.sqltypes.AutoString(length=40), nullable=False),
        sa.Column("text", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_own_word_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_word")),
    )
    with op.batch_alter_table("own_word", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_own_word_club_id"), ["club_id"], unique=False)

    op.create_table(
        "stocktake",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("begun_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("went_on_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("chat_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_stocktake_club_id_club")),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_stocktake_club_id_person_id_person"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stocktake")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_stocktake_club_id_id")),
    )
    with op.batch_alter_table("stocktake", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stocktake_club_id"), ["club_id"], unique=False)

    op.create_table(
        "stocktake_kit",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "stocktake_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("seen", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("booked", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("missing", sa.JSON(none_as_null=True), nullable=True),
        sa.CheckConstraint(
            "booked IN ('shelf', 'out', 'lost')", name=op.f("ck_stocktake_kit_booked")
        ),
        sa.CheckConstraint(
            "seen IN ('there', 'gone', 'differs')", name=op.f("ck_stocktake_kit_seen")
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_stocktake_kit_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "stocktake_id"],
            ["stocktake.club_id", "stocktake.id"],
            name=op.f("fk_stocktake_kit_club_id_stocktake_id_stocktake"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id"], ["club.id"], name=op.f("fk_stocktake_kit_club_id_club")
        ),
        sa.PrimaryKeyConstraint("club_id", "stocktake_id", "kit_id", name=op.f("pk_stocktake_kit")),
    )
    op.create_table(
        "wish",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("team_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kits", sa.Integer(), nullable=False),
        sa.Column("starts", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("ends", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("said_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("state", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("why", sqlmodel.sql.sqltypes.AutoString(length=20), nullable=False),
        sa.Column(
            "booking_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.CheckConstraint(
            "state IN ('waiting', 'asked', 'offered', 'done')", name=op.f("ck_wish_state")
        ),
        sa.CheckConstraint("starts < ends", name=op.f("ck_wish_span")),
        sa.ForeignKeyConstraint(
            ["club_id", "booking_id"],
            ["booking.club_id", "booking.id"],
            name=op.f("fk_wish_club_id_booking_id_booking"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_wish_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "team_id"],
            ["team.club_id", "team.id"],
            name=op.f("fk_wish_club_id_team_id_team"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_wish_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wish")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_wish_club_id_id")),
    )
    with op.batch_alter_table("wish", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_wish_club_id"), ["club_id"], unique=False)
        batch_op.create_index("ix_wish_state", ["club_id", "state", "said_at"], unique=False)

    op.create_table(
        "loss",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("item_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("thing", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("stolen", sa.Boolean(), nullable=False),
        sa.Column("last_seen", sqlmodel.sql.sqltypes.AutoString(length=300), nullable=False),
        sa.Column("pictures", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column("said_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("said_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("found_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.CheckConstraint("pictures IN ('unknown', 'yes', 'no')", name=op.f("ck_loss_pictures")),
        sa.CheckConstraint(
            "thing IN ('kit', 'unit', 'battery', 'tablet', 'charger')", name=op.f("ck_loss_thing")
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "item_id"],
            ["item.club_id", "item.id"],
            name=op.f("fk_loss_club_id_item_id_item"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_loss_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "said_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_loss_club_id_said_by_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_loss_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_loss")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_loss_club_id_id")),
        sa.UniqueConstraint("club_id", "number", name=op.f("uq_loss_club_id_number")),
    )
    with op.batch_alter_table("loss", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_loss_club_id"), ["club_id"], unique=False)

    op.create_table(
        "mix",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "unit_kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column(
            "tablet_kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("noted_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("noted_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("settled_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["club_id", "noted_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_mix_club_id_noted_by_person"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "tablet_kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_mix_club_id_tablet_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "unit_kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_mix_club_id_unit_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_mix_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mix")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_mix_club_id_id")),
    )
    with op.batch_alter_table("mix", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_mix_club_id"), ["club_id"], unique=False)

    op.create_table(
        "last_buttons",
        sa.Column("chat_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("buttons", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("chat_id", name=op.f("pk_last_buttons")),
    )
    op.create_table(
        "mute",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("kind", sqlmodel.sql.sqltypes.AutoString(length=24), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_mute_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_mute_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "person_id", "kind", name=op.f("pk_mute")),
    )
    op.create_table(
        "seen",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("day", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_seen_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_seen_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "person_id", name=op.f("pk_seen")),
    )
    op.create_table(
        "sent_message",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_sent_message_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(
            ["club_id"], ["club.id"], name=op.f("fk_sent_message_club_id_club")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sent_message")),
    )
    with op.batch_alter_table("sent_message", schema=None) as batch_op:
        batch_op.create_index("ix_sent_message_at", ["club_id", "at"], unique=False)
        batch_op.create_index(batch_op.f("ix_sent_message_club_id"), ["club_id"], unique=False)

    op.create_table(
        "day_list",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "person_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("chat_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column(
            "message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False
        ),
        sa.Column("day", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "person_id"],
            ["person.club_id", "person.id"],
            name=op.f("fk_day_list_club_id_person_id_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_day_list_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "person_id", name=op.f("pk_day_list")),
    )
    with op.batch_alter_table("day_list", schema=None) as batch_op:
        batch_op.create_index("ix_day_list_day", ["club_id", "day"], unique=False)

    op.create_table(
        "on_charge",
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("own", sa.Boolean(), nullable=False),
        sa.Column("bay", sa.Integer(), nullable=False),
        sa.Column("put_on_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("until", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("percent", sa.Integer(), nullable=False),
        sa.Column("shows", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"],
            ["kit.club_id", "kit.id"],
            name=op.f("fk_on_charge_club_id_kit_id_kit"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_on_charge_club_id_club")),
        sa.PrimaryKeyConstraint("club_id", "kit_id", "own", name=op.f("pk_on_charge")),
    )
    op.create_table(
        "run_test",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("started_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("ended_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.Column("kits", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_run_test_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run_test")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_run_test_club_id_id")),
    )
    with op.batch_alter_table("run_test", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_run_test_club_id"), ["club_id"], unique=False)

    op.create_table(
        "tag",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("club_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("code", sqlmodel.sql.sqltypes.AutoString(length=16), nullable=False),
        sa.Column("kit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("thing", sqlmodel.sql.sqltypes.AutoString(length=8), nullable=False),
        sa.Column(
            "scanned_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True
        ),
        sa.Column("scanned_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=True),
        sa.CheckConstraint("thing IN ('unit', 'tablet', 'tray')", name=op.f("ck_tag_thing")),
        sa.ForeignKeyConstraint(
            ["club_id", "kit_id"], ["kit.club_id", "kit.id"], name=op.f("fk_tag_club_id_kit_id_kit")
        ),
        sa.ForeignKeyConstraint(
            ["club_id", "scanned_by"],
            ["person.club_id", "person.id"],
            name=op.f("fk_tag_club_id_scanned_by_person"),
        ),
        sa.ForeignKeyConstraint(["club_id"], ["club.id"], name=op.f("fk_tag_club_id_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tag")),
        sa.UniqueConstraint("club_id", "id", name=op.f("uq_tag_club_id_id")),
        sa.UniqueConstraint("club_id", "kit_id", "thing", name=op.f("uq_tag_club_id_kit_id_thing")),
        sa.UniqueConstraint("code", name=op.f("uq_tag_code")),
    )
    with op.batch_alter_table("tag", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tag_club_id"), ["club_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("sent_message", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sent_message_club_id"))
        batch_op.drop_index("ix_sent_message_at")

    op.drop_table("sent_message")
    op.drop_table("seen")
    op.drop_table("mute")
    op.drop_table("last_buttons")
    with op.batch_alter_table("tag", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_tag_club_id"))

    op.drop_table("tag")
    with op.batch_alter_table("run_test", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_run_test_club_id"))

    op.drop_table("run_test")
    op.drop_table("on_charge")
    with op.batch_alter_table("day_list", schema=None) as batch_op:
        batch_op.drop_index("ix_day_list_day")

    op.drop_table("day_list")
    with op.batch_alter_table("mix", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_mix_club_id"))

    op.drop_table("mix")
    with op.batch_alter_table("loss", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_loss_club_id"))

    op.drop_table("loss")
    with op.batch_alter_table("wish", schema=None) as batch_op:
        batch_op.drop_index("ix_wish_state")
        batch_op.drop_index(batch_op.f("ix_wish_club_id"))

    op.drop_table("wish")
    op.drop_table("stocktake_kit")
    with op.batch_alter_table("stocktake", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_stocktake_club_id"))

    op.drop_table("stocktake")
    with op.batch_alter_table("own_word", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_own_word_club_id"))

    op.drop_table("own_word")
    with op.batch_alter_table("claim", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_claim_club_id"))

    op.drop_table("claim")
    with op.batch_alter_table("fault_step", schema=None) as batch_op:
        batch_op.drop_index("ix_fault_step_fault")
        batch_op.drop_index(batch_op.f("ix_fault_step_club_id"))

    op.drop_table("fault_step")
    with op.batch_alter_table("fault_copy", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_fault_copy_club_id"))

    op.drop_table("fault_copy")
    with op.batch_alter_table("fault_check", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_fault_check_club_id"))

    op.drop_table("fault_check")
    with op.batch_alter_table("fault_photo", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_fault_photo_club_id"))

    op.drop_table("fault_photo")
    op.drop_table("booking_resource")
    op.drop_table("owed_swap")
    with op.batch_alter_table("booking_kit", schema=None) as batch_op:
        batch_op.drop_index("ix_booking_kit_kit")

    op.drop_table("booking_kit")
    op.drop_table("team_member")
    with op.batch_alter_table("fault", schema=None) as batch_op:
        batch_op.drop_index("ix_fault_open")
        batch_op.drop_index(batch_op.f("ix_fault_club_id"))

    op.drop_table("fault")
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.drop_index("ix_entry_said_by")
        batch_op.drop_index("ix_entry_kit")
        batch_op.drop_index("ix_entry_item")
        batch_op.drop_index("ix_entry_cancels")

    op.drop_table("entry")
    with op.batch_alter_table("booking", schema=None) as batch_op:
        batch_op.drop_index("ix_booking_series")
        batch_op.drop_index("ix_booking_live")
        batch_op.drop_index(batch_op.f("ix_booking_club_id"))

    op.drop_table("booking")
    with op.batch_alter_table("team", schema=None) as batch_op:
        batch_op.drop_index("uq_team_name")
        batch_op.drop_index(batch_op.f("ix_team_club_id"))

    op.drop_table("team")
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_part_club_id"))

    op.drop_table("part")
    with op.batch_alter_table("notice", schema=None) as batch_op:
        batch_op.drop_index("ix_notice_person")
        batch_op.drop_index("ix_notice_owed")
        batch_op.drop_index(batch_op.f("ix_notice_club_id"))

    op.drop_table("notice")
    with op.batch_alter_table("meeting", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_meeting_club_id"))

    op.drop_table("meeting")
    with op.batch_alter_table("kit", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_kit_club_id"))

    op.drop_table("kit")
    with op.batch_alter_table("supervised_hours", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_supervised_hours_club_id"))

    op.drop_table("supervised_hours")
    with op.batch_alter_table("resource", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_resource_club_id"))

    op.drop_table("resource")
    with op.batch_alter_table("position", schema=None) as batch_op:
        batch_op.drop_index("ix_position_due")

    op.drop_table("position")
    with op.batch_alter_table("charger", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_charger_club_id"))

    op.drop_table("charger")
    with op.batch_alter_table("announcement", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_announcement_club_id"))
        batch_op.drop_index("ix_announcement_owed")

    op.drop_table("announcement")
    with op.batch_alter_table("absence", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_absence_club_id"))

    op.drop_table("absence")
    with op.batch_alter_table("place", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_place_club_id"))

    op.drop_table("place")
    with op.batch_alter_table("person", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_person_telegram_id"))
        batch_op.drop_index(batch_op.f("ix_person_club_id"))

    op.drop_table("person")
    with op.batch_alter_table("knock", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_knock_club_id"))

    op.drop_table("knock")
    with op.batch_alter_table("kit_type", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_kit_type_club_id"))

    op.drop_table("kit_type")
    with op.batch_alter_table("item", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_item_club_id"))

    op.drop_table("item")
    with op.batch_alter_table("invitation", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_invitation_club_id"))

    op.drop_table("invitation")
    with op.batch_alter_table("group_chat", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_group_chat_club_id"))

    op.drop_table("group_chat")
    with op.batch_alter_table("closure", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_closure_club_id"))

    op.drop_table("closure")
    op.drop_table("session_move")
    op.drop_table("inbox")
    with op.batch_alter_table("handled_update", schema=None) as batch_op:
        batch_op.drop_index("ix_handled_update_at")

    op.drop_table("handled_update")
    op.drop_table("dialogue")
    with op.batch_alter_table("code_try", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_code_try_telegram_id"))

    op.drop_table("code_try")
    op.drop_table("club")
    op.drop_table("bot")
