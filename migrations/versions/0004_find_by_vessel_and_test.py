"""Find a vessel's lightships and a test's follow-ups without reading everybody's"""

from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade():
    op.create_index(op.f("ix_lightships_vessel_id_date"), "lightships", ["vessel_id", "date"], unique=False)
    op.create_index(op.f("ix_follow_ups_test_id_id"), "follow_ups", ["test_id", "id"], unique=False)


def downgrade():
    op.drop_index(op.f("ix_follow_ups_test_id_id"), table_name="follow_ups")
    op.drop_index(op.f("ix_lightships_vessel_id_date"), table_name="lightships")
