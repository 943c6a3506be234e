"""Stored tests with their documents and entries, the lightship boundary, and what follows from results"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

ID = sa.String(length=32)
MOMENT = sa.DateTime(timezone=True)
DOCUMENT = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")
STAGES = (
    "planned",
    "procedure-issued",
    "preparing",
    "advisory-survey",
    "survey-day",
    "test-day",
    "preliminary-result",
    "under-review",
    "approved",
    "postponed",
    "abandoned",
    "superseded",
)


def upgrade():
    _create_tests()
    _create_test_documents()
    _create_test_entries()
    _create_boundary_decisions()
    _create_follow_ups()


def downgrade():
    op.drop_table("follow_ups")
    op.drop_table("boundary_decisions")
    op.drop_table("test_entries")
    op.drop_table("test_documents")
    op.drop_table("tests")


def _create_tests():
    op.create_table(
        "tests",
        sa.Column("id", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("vessel_id", ID, nullable=False),
        sa.Column("kind", ID, nullable=False),
        sa.Column("origin", ID, nullable=False),
        sa.Column("title", sa.String(length=200), nullable=True),
        sa.Column("record_source", sa.String(length=2000), nullable=True),
        sa.Column("stage", ID, nullable=False),
        sa.Column("pinned", DOCUMENT, nullable=True),
        sa.Column("result_id", ID, nullable=True),
        sa.Column("lightship_id", ID, nullable=True),
        sa.Column("supersedes", ID, nullable=True),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.Column("updated_at", MOMENT, nullable=False),
        sa.CheckConstraint("kind IN ('inclining-test', 'lightweight-survey')", name=op.f("ck_tests_kind_known")),
        sa.CheckConstraint("origin IN ('conducted', 'entered-record')", name=op.f("ck_tests_origin_known")),
        sa.CheckConstraint(f"stage IN {STAGES!r}", name=op.f("ck_tests_stage_known")),
        sa.ForeignKeyConstraint(["lightship_id"], ["lightships.id"], name=op.f("fk_tests_lightship_id_lightships")),
        sa.ForeignKeyConstraint(["result_id"], ["computations.id"], name=op.f("fk_tests_result_id_computations")),
        sa.ForeignKeyConstraint(["supersedes"], ["tests.id"], name=op.f("fk_tests_supersedes_tests")),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_tests_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tests")),
        sa.UniqueConstraint("supersedes", name=op.f("uq_tests_supersedes")),
    )
    op.create_index(op.f("ix_tests_vessel_id_id"), "tests", ["vessel_id", "id"], unique=False)


def _create_test_documents():
    op.create_table(
        "test_documents",
        sa.Column("id", ID, nullable=False),
        sa.Column("test_id", ID, nullable=False),
        sa.Column("kind", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("document", DOCUMENT, nullable=False),
        sa.Column("recorded_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "kind IN ('plan', 'tank-plan', 'preparations', 'record')", name=op.f("ck_test_documents_kind_known")
        ),
        sa.ForeignKeyConstraint(["test_id"], ["tests.id"], name=op.f("fk_test_documents_test_id_tests")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_test_documents")),
        sa.UniqueConstraint("test_id", "kind", "version", name=op.f("uq_test_documents_test_id_kind_version")),
    )


def _create_test_entries():
    op.create_table(
        "test_entries",
        sa.Column("id", ID, nullable=False),
        sa.Column("test_id", ID, nullable=False),
        sa.Column("kind", ID, nullable=False),
        sa.Column("document", DOCUMENT, nullable=False),
        sa.Column("corrects", ID, nullable=True),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=True),
        sa.Column("recorded_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.String(length=200), nullable=False),
        sa.Column("token_id", ID, nullable=False),
        sa.CheckConstraint(
            "corrects IS NULL OR reason IS NOT NULL", name=op.f("ck_test_entries_correction_has_reason")
        ),
        sa.CheckConstraint(
            "corrects IS NOT NULL OR NOT withdrawn", name=op.f("ck_test_entries_withdrawal_names_an_entry")
        ),
        sa.ForeignKeyConstraint(["corrects"], ["test_entries.id"], name=op.f("fk_test_entries_corrects_test_entries")),
        sa.ForeignKeyConstraint(["test_id"], ["tests.id"], name=op.f("fk_test_entries_test_id_tests")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_test_entries")),
        sa.UniqueConstraint("corrects", name=op.f("uq_test_entries_corrects")),
    )
    op.create_index(op.f("ix_test_entries_test_id_kind_id"), "test_entries", ["test_id", "kind", "id"], unique=False)


def _create_boundary_decisions():
    op.create_table(
        "boundary_decisions",
        sa.Column("id", ID, nullable=False),
        sa.Column("vessel_id", ID, nullable=False),
        sa.Column("item_class", sa.String(length=200), nullable=False),
        sa.Column("counts", sa.String(length=16), nullable=False),
        sa.Column("quantity", sa.String(length=500), nullable=True),
        sa.Column("decided_by", sa.String(length=200), nullable=False),
        sa.Column("decided_on", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=True),
        sa.Column("recorded_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.String(length=200), nullable=False),
        sa.CheckConstraint("counts IN ('lightship', 'load')", name=op.f("ck_boundary_decisions_counts_known")),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_boundary_decisions_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_boundary_decisions")),
    )
    op.create_index(op.f("ix_boundary_decisions_vessel_id_id"), "boundary_decisions", ["vessel_id", "id"], unique=False)


def _create_follow_ups():
    op.create_table(
        "follow_ups",
        sa.Column("id", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("vessel_id", ID, nullable=False),
        sa.Column("test_id", ID, nullable=False),
        sa.Column("text", sa.String(length=2000), nullable=False),
        sa.Column("owner", sa.String(length=200), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("opened_at", MOMENT, nullable=False),
        sa.Column("opened_by", sa.String(length=200), nullable=False),
        sa.Column("closed_at", MOMENT, nullable=True),
        sa.Column("closed_by", sa.String(length=200), nullable=True),
        sa.Column("evidence", sa.String(length=2000), nullable=True),
        sa.CheckConstraint(
            "closed_at IS NULL OR evidence IS NOT NULL", name=op.f("ck_follow_ups_closed_with_evidence")
        ),
        sa.ForeignKeyConstraint(["test_id"], ["tests.id"], name=op.f("fk_follow_ups_test_id_tests")),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_follow_ups_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_follow_ups")),
    )
    op.create_index(op.f("ix_follow_ups_vessel_id_id"), "follow_ups", ["vessel_id", "id"], unique=False)
