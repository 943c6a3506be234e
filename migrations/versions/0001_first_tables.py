"""Vessels, their documents and history, tokens and the feed"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

ID = sa.String(length=32)
MOMENT = sa.DateTime(timezone=True)
DOCUMENT = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")


def upgrade():
    _create_event_counter()
    _create_events()
    _create_tokens()
    _create_vessels()
    _create_alterations()
    _create_computations()
    _create_idempotency_keys()
    _create_lightships()
    _create_vessel_documents()
    op.execute("INSERT INTO event_counter (id, last_sequence) VALUES (1, 0)")


def downgrade():
    op.drop_table("vessel_documents")
    op.drop_table("lightships")
    op.drop_table("idempotency_keys")
    op.drop_table("computations")
    op.drop_table("alterations")
    op.drop_table("vessels")
    op.drop_table("tokens")
    op.drop_table("events")
    op.drop_table("event_counter")


def _create_event_counter():
    op.create_table(
        "event_counter",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last_sequence", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_event_counter")),
    )


def _create_events():
    op.create_table(
        "events",
        sa.Column("sequence", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("type", sa.String(length=100), nullable=False),
        sa.Column("subject", sa.String(length=200), nullable=False),
        sa.Column("vessel_id", ID, nullable=True),
        sa.Column("actor", sa.String(length=200), nullable=False),
        sa.Column("time", MOMENT, nullable=False),
        sa.Column("data", DOCUMENT, nullable=False),
        sa.PrimaryKeyConstraint("sequence", name=op.f("pk_events")),
    )
    op.create_index(op.f("ix_events_vessel_id_sequence"), "events", ["vessel_id", "sequence"], unique=False)


def _create_tokens():
    op.create_table(
        "tokens",
        sa.Column("id", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("fleet", sa.String(length=200), nullable=True),
        sa.Column("vessel_ids", DOCUMENT, nullable=True),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("created_by", sa.String(length=200), nullable=False),
        sa.Column("expires_at", MOMENT, nullable=True),
        sa.Column("revoked_at", MOMENT, nullable=True),
        sa.CheckConstraint(
            "role IN ('reader', 'recorder', 'planner', 'approver', 'admin')", name=op.f("ck_tokens_role_known")
        ),
        sa.CheckConstraint("fleet IS NULL OR vessel_ids IS NULL", name=op.f("ck_tokens_one_scope")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tokens")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_tokens_token_sha256")),
    )


def _create_vessels():
    op.create_table(
        "vessels",
        sa.Column("id", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("imo_number", sa.String(length=7), nullable=True),
        sa.Column("kind", sa.String(length=100), nullable=True),
        sa.Column("fleet", sa.String(length=200), nullable=True),
        sa.Column("sister_of", ID, nullable=True),
        sa.Column("length_bp_m", sa.Double(), nullable=True),
        sa.Column("length_m", sa.Double(), nullable=True),
        sa.Column("breadth_m", sa.Double(), nullable=True),
        sa.Column("depth_m", sa.Double(), nullable=True),
        sa.Column("keel_laid", sa.Date(), nullable=True),
        sa.Column("subdivision_length_m", sa.Double(), nullable=True),
        sa.Column("top_z_m", sa.Double(), nullable=True),
        sa.Column("aft_x_m", sa.Double(), nullable=True),
        sa.Column("forward_x_m", sa.Double(), nullable=True),
        sa.Column("operating_displacement_t", sa.Double(), nullable=True),
        sa.Column("column_stabilized", sa.Boolean(), nullable=True),
        sa.Column("rule_set", sa.String(length=100), nullable=True),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("updated_at", MOMENT, nullable=False),
        sa.CheckConstraint("length_bp_m > 0", name=op.f("ck_vessels_length_bp_positive")),
        sa.ForeignKeyConstraint(["sister_of"], ["vessels.id"], name=op.f("fk_vessels_sister_of_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vessels")),
        sa.UniqueConstraint("imo_number", name=op.f("uq_vessels_imo_number")),
    )
    op.create_index(op.f("ix_vessels_fleet_id"), "vessels", ["fleet", "id"], unique=False)


def _create_alterations():
    op.create_table(
        "alterations",
        sa.Column("id", ID, nullable=False),
        sa.Column("vessel_id", ID, nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.Column("kind", ID, nullable=False),
        sa.Column("mass_t", sa.Double(), nullable=False),
        sa.Column("x_m", sa.Double(), nullable=False),
        sa.Column("y_m", sa.Double(), nullable=False),
        sa.Column("z_m", sa.Double(), nullable=False),
        sa.Column("to_x_m", sa.Double(), nullable=True),
        sa.Column("to_y_m", sa.Double(), nullable=True),
        sa.Column("to_z_m", sa.Double(), nullable=True),
        sa.Column("description", sa.String(length=2000), nullable=True),
        sa.Column("uncertainties", DOCUMENT, nullable=True),
        sa.Column("corrects", ID, nullable=True),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.String(length=2000), nullable=True),
        sa.Column("recorded_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.String(length=200), nullable=False),
        sa.CheckConstraint("kind IN ('added', 'removed', 'relocated')", name=op.f("ck_alterations_kind_known")),
        sa.CheckConstraint("corrects IS NULL OR reason IS NOT NULL", name=op.f("ck_alterations_correction_has_reason")),
        sa.CheckConstraint("mass_t > 0", name=op.f("ck_alterations_mass_positive")),
        sa.ForeignKeyConstraint(["corrects"], ["alterations.id"], name=op.f("fk_alterations_corrects_alterations")),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_alterations_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_alterations")),
        sa.UniqueConstraint("corrects", name=op.f("uq_alterations_corrects")),
    )
    op.create_index(op.f("ix_alterations_vessel_id_date"), "alterations", ["vessel_id", "date"], unique=False)


def _create_computations():
    op.create_table(
        "computations",
        sa.Column("id", ID, nullable=False),
        sa.Column("kind", sa.String(length=64), nullable=False),
        sa.Column("vessel_id", ID, nullable=True),
        sa.Column("method_id", sa.String(length=64), nullable=False),
        sa.Column("method_version", ID, nullable=False),
        sa.Column("inputs", DOCUMENT, nullable=False),
        sa.Column("inputs_sha256", sa.String(length=64), nullable=False),
        sa.Column("sources", DOCUMENT, nullable=False),
        sa.Column("rule_set", sa.String(length=100), nullable=True),
        sa.Column("rule_edition", sa.String(length=100), nullable=True),
        sa.Column("result", DOCUMENT, nullable=False),
        sa.Column("service_version", ID, nullable=False),
        sa.Column("computed_at", MOMENT, nullable=False),
        sa.Column("computed_by", sa.String(length=200), nullable=False),
        sa.Column("supersedes", ID, nullable=True),
        sa.ForeignKeyConstraint(
            ["supersedes"], ["computations.id"], name=op.f("fk_computations_supersedes_computations")
        ),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_computations_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_computations")),
        sa.UniqueConstraint("supersedes", name=op.f("uq_computations_supersedes")),
    )
    op.create_index(
        op.f("ix_computations_vessel_id_kind_id"), "computations", ["vessel_id", "kind", "id"], unique=False
    )


def _create_idempotency_keys():
    op.create_table(
        "idempotency_keys",
        sa.Column("token_id", ID, nullable=False),
        sa.Column("key", sa.String(length=255), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("status", sa.Integer(), nullable=True),
        sa.Column("headers", DOCUMENT, nullable=True),
        sa.Column("body", sa.LargeBinary(), nullable=True),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["token_id"], ["tokens.id"], name=op.f("fk_idempotency_keys_token_id_tokens")),
        sa.PrimaryKeyConstraint("token_id", "key", name=op.f("pk_idempotency_keys")),
    )
    op.create_index(op.f("ix_idempotency_keys_created_at"), "idempotency_keys", ["created_at"], unique=False)


def _create_lightships():
    op.create_table(
        "lightships",
        sa.Column("id", ID, nullable=False),
        sa.Column("vessel_id", ID, nullable=False),
        sa.Column("date", sa.Date(), nullable=False),
        sa.Column("basis", ID, nullable=False),
        sa.Column("mass_t", sa.Double(), nullable=False),
        sa.Column("lcg_m", sa.Double(), nullable=False),
        sa.Column("tcg_m", sa.Double(), nullable=True),
        sa.Column("vcg_m", sa.Double(), nullable=True),
        sa.Column("approved", sa.Boolean(), nullable=False),
        sa.Column("uncertainties", DOCUMENT, nullable=True),
        sa.Column("supersedes", ID, nullable=True),
        sa.Column("reason", sa.String(length=2000), nullable=True),
        sa.Column("recorded_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "basis IN ('inclining-test', 'lightweight-survey', 'calculation', 'sister-ship', 'estimate', 'weighed')",
            name=op.f("ck_lightships_basis_known"),
        ),
        sa.CheckConstraint("mass_t > 0", name=op.f("ck_lightships_mass_positive")),
        sa.ForeignKeyConstraint(["supersedes"], ["lightships.id"], name=op.f("fk_lightships_supersedes_lightships")),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_lightships_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lightships")),
        sa.UniqueConstraint("supersedes", name=op.f("uq_lightships_supersedes")),
    )
    op.create_index(
        "uq_lightships_first_of_date_and_basis",
        "lightships",
        ["vessel_id", "date", "basis"],
        unique=True,
        sqlite_where=sa.text("supersedes IS NULL"),
        postgresql_where=sa.text("supersedes IS NULL"),
    )


def _create_vessel_documents():
    op.create_table(
        "vessel_documents",
        sa.Column("id", ID, nullable=False),
        sa.Column("vessel_id", ID, nullable=False),
        sa.Column("kind", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("document", DOCUMENT, nullable=False),
        sa.Column("recorded_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.String(length=200), nullable=False),
        sa.CheckConstraint(
            "kind IN ('hull', 'hydrostatic-table', 'marks', 'tanks')", name=op.f("ck_vessel_documents_kind_known")
        ),
        sa.ForeignKeyConstraint(["vessel_id"], ["vessels.id"], name=op.f("fk_vessel_documents_vessel_id_vessels")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vessel_documents")),
        sa.UniqueConstraint("vessel_id", "kind", "version", name=op.f("uq_vessel_documents_vessel_id_kind_version")),
    )
