// What npm's isoxml reads from the time logs of a folder of task data.
//
//     node timelog.js NODE_FOLDER TASKDATA
//
// Prints a list a log of [time in ms, latitude, longitude, [[entry, value], ...]].
const fs = require("fs");
const path = require("path");
const [folder, data] = process.argv.slice(2);
const modules = path.resolve(folder, "node_modules");
const { ISOXMLManager } = require(path.join(modules, "isoxml"));
const JSZip = require(path.join(modules, "jszip"));

(async () => {
    const zip = new JSZip();
    for (const name of fs.readdirSync(data)) zip.file(`TASKDATA/${name}`, fs.readFileSync(path.join(data, name)));
    const manager = new ISOXMLManager();
    await manager.parseISOXMLFile(await zip.generateAsync({ type: "uint8array" }), "application/zip");
    const logs = manager.getEntitiesOfTag("TSK").flatMap((task) => task.attributes.TimeLog).map((log) => {
        const info = log.parseBinaryFile();
        const ddi = new Map(info.valuesInfo.map((value) => [value.valueKey, value.DDINumber]));
        return info.timeLogs.map(({ time, position, values }) => [
            time.getTime(),
            position.PositionNorth,
            position.PositionEast,
            Object.entries(values).map(([key, value]) => [ddi.get(key), value]),
        ]);
    });
    console.log(JSON.stringify(logs));
})().catch((error) => {
    console.error(error);
    process.exit(1);
});
