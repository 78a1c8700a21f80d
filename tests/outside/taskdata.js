// The rates that npm's isoxml reads from an archive of task data.
//
//     node taskdata.js NODE_FOLDER taskdata.zip < points.json
//
// Prints {"warnings": [...], "rates": [...]} in mg/m2.
const fs = require("fs");
const path = require("path");
const [folder, archive] = process.argv.slice(2);
const { ISOXMLManager } = require(path.resolve(folder, "node_modules", "isoxml"));

const inRing = (ring, [x, y]) => {
    let inside = false;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
        const [a, b] = [ring[i], ring[j]];
        if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
    }
    return inside;
};

(async () => {
    const points = JSON.parse(fs.readFileSync(0, "utf8"));
    const manager = new ISOXMLManager();
    await manager.parseISOXMLFile(new Uint8Array(fs.readFileSync(archive)), "application/zip");
    const task = manager.getEntitiesOfTag("TSK")[0];
    const zones = task.attributes.TreatmentZone.map((zone) => zone.attributes);
    const setpoint = (zone) => zone.ProcessDataVariable.find((v) => v.attributes.ProcessDataDDI === "0006").attributes.ProcessDataValue;
    const byCode = new Map(zones.map((zone) => [zone.TreatmentZoneCode, setpoint(zone)]));
    const outside = byCode.get(task.attributes.OutOfFieldTreatmentZoneCode);
    const grid = task.attributes.Grid && task.attributes.Grid[0];
    let rateAt;
    if (grid) {
        const { GridMinimumEastPosition: west, GridMinimumNorthPosition: south, GridCellEastSize: wide, GridCellNorthSize: high, GridMaximumColumn: columns, GridType: kind } = grid.attributes;
        const bytes = Buffer.from(grid.binaryData);
        rateAt = ([x, y]) => {
            const cell = Math.floor((y - south) / high) * columns + Math.floor((x - west) / wide);
            return kind === "1" ? byCode.get(bytes[cell]) : bytes.readInt32LE(4 * cell);
        };
    } else {
        const { ExtendedPolygon } = require(path.resolve(folder, "node_modules", "isoxml"));
        const shaped = zones.filter((zone) => zone.PolygonTreatmentZoneonly);
        const shapes = shaped.map((zone) => ({
            rate: setpoint(zone),
            parts: ExtendedPolygon.toGeoJSON(zone.PolygonTreatmentZoneonly).coordinates,
        }));
        const inPart = (rings, point) => rings.reduce((inside, ring) => inside !== inRing(ring, point), false);
        rateAt = (point) => {
            const shape = shapes.find(({ parts }) => parts.some((rings) => inPart(rings, point)));
            return shape ? shape.rate : outside;
        };
    }
    console.log(JSON.stringify({ warnings: manager.getWarnings(), rates: points.map(rateAt) }));
})().catch((error) => {
    console.error(error);
    process.exit(1);
});
