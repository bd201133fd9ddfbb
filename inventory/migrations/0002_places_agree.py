"""Facts about places that concern two tables, so that Django's constraints cannot say them."""

from django.db import migrations

# A composite key is compared only when all its columns are filled (MATCH SIMPLE), so a vault
# off the lanes, or a piece outside a vault, is free of these.
KEYS = """
ALTER TABLE inventory_vault ADD CONSTRAINT vault_lane_of_its_branch
    FOREIGN KEY (lane_id, branch_id) REFERENCES inventory_lane (id, branch_id)
    DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE inventory_item ADD CONSTRAINT item_vault_of_its_shipment
    FOREIGN KEY (vault_id, shipment_id) REFERENCES inventory_vault (id, shipment_id)
    DEFERRABLE INITIALLY DEFERRED;
"""

DROP_KEYS = """
ALTER TABLE inventory_item DROP CONSTRAINT item_vault_of_its_shipment;
ALTER TABLE inventory_vault DROP CONSTRAINT vault_lane_of_its_branch;
"""

# One function for both tables: a vault outside its lane is refused whether the vault was moved
# there or the lane was made smaller.
ROOM = """
CREATE FUNCTION inventory_vault_within_lane() RETURNS trigger AS $$
DECLARE
    lane_key bigint;
    stray text;
BEGIN
    IF TG_TABLE_NAME = 'inventory_lane' THEN
        lane_key := NEW.id;
    ELSE
        lane_key := NEW.lane_id;
    END IF;
    SELECT v.code INTO stray
      FROM inventory_vault v JOIN inventory_lane l ON l.id = v.lane_id
     WHERE l.id = lane_key AND (v.depth > l.depth OR v.level > l.levels)
     LIMIT 1;
    IF stray IS NOT NULL THEN
        RAISE EXCEPTION 'vault % stands outside its lane', stray
            USING ERRCODE = 'check_violation', CONSTRAINT = 'vault_within_lane';
    END IF;
    RETURN NULL;
END $$ LANGUAGE plpgsql;
CREATE CONSTRAINT TRIGGER vault_within_lane
    AFTER INSERT OR UPDATE OF lane_id, depth, level ON inventory_vault
    FOR EACH ROW EXECUTE FUNCTION inventory_vault_within_lane();
CREATE CONSTRAINT TRIGGER lane_holds_its_vaults
    AFTER UPDATE OF depth, levels ON inventory_lane
    FOR EACH ROW EXECUTE FUNCTION inventory_vault_within_lane();
"""

DROP_ROOM = """
DROP TRIGGER lane_holds_its_vaults ON inventory_lane;
DROP TRIGGER vault_within_lane ON inventory_vault;
DROP FUNCTION inventory_vault_within_lane();
"""


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_initial")]

    operations = [
        migrations.RunSQL(KEYS, DROP_KEYS),
        migrations.RunSQL(ROOM, DROP_ROOM),
    ]
