"""Movements of equipment are added and never changed or removed; PostgreSQL sees to it."""

from django.db import migrations

STAY = """
CREATE FUNCTION loading_movement_stays() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION 'movements of equipment are never changed or removed'
        USING ERRCODE = 'restrict_violation', CONSTRAINT = 'movement_stays';
END $$ LANGUAGE plpgsql;
CREATE TRIGGER movement_stays BEFORE UPDATE OR DELETE ON loading_equipmentmovement
    FOR EACH ROW EXECUTE FUNCTION loading_movement_stays();
"""

GO = """
DROP TRIGGER movement_stays ON loading_equipmentmovement;
DROP FUNCTION loading_movement_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("loading", "0005_equipment")]
    operations = [migrations.RunSQL(STAY, GO)]
