"""People who sign in by name and password, their attempts, and whose session a token is"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

ID = sa.String(length=32)
MOMENT = sa.DateTime(timezone=True)
DOCUMENT = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")
ROLES = ("reader", "recorder", "planner", "approver", "admin")


def upgrade():
    op.create_table(
        "people",
        sa.Column("id", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("name_key", sa.String(length=1000), nullable=False),
        sa.Column("password_hash", sa.String(length=500), nullable=False),
        sa.Column("password_set_at", MOMENT, nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("fleet", sa.String(length=200), nullable=True),
        sa.Column("vessel_ids", DOCUMENT, nullable=True),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.Column("disabled_at", MOMENT, nullable=True),
        sa.CheckConstraint("fleet IS NULL OR vessel_ids IS NULL", name=op.f("ck_people_one_scope")),
        sa.CheckConstraint(f"role IN {ROLES!r}", name=op.f("ck_people_role_known")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("name_key", name=op.f("uq_people_name_key")),
    )
    op.create_table(
        "sign_in_attempts",
        sa.Column("id", ID, nullable=False),
        sa.Column("name_sha256", sa.String(length=64), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_attempts")),
    )
    op.create_index(op.f("ix_sign_in_attempts_name_sha256_at"), "sign_in_attempts", ["name_sha256", "at"], unique=False)
    op.create_index(op.f("ix_sign_in_attempts_address_at"), "sign_in_attempts", ["address", "at"], unique=False)
    with op.batch_alter_table("tokens") as tokens:
        tokens.add_column(sa.Column("person_id", ID, nullable=True))
        tokens.create_foreign_key(op.f("fk_tokens_person_id_people"), "people", ["person_id"], ["id"])
        tokens.create_index(op.f("ix_tokens_person_id"), ["person_id"], unique=False)


def downgrade():
    with op.batch_alter_table("tokens") as tokens:
        tokens.drop_index(op.f("ix_tokens_person_id"))
        tokens.drop_constraint(op.f("fk_tokens_person_id_people"), type_="foreignkey")
        tokens.drop_column("person_id")
    op.drop_table("sign_in_attempts")
    op.drop_table("people")
