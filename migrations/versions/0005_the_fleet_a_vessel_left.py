"""Tell those who follow a fleet that a vessel has left it"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade():
    op.add_column("events", sa.Column("fleet_left", sa.String(length=200), nullable=True))
    op.create_index(op.f("ix_events_fleet_left_sequence"), "events", ["fleet_left", "sequence"], unique=False)


def downgrade():
    op.drop_index(op.f("ix_events_fleet_left_sequence"), table_name="events")
    op.drop_column("events", "fleet_left")
