// Opens the module that computes: compiled WebAssembly in, a function out that takes a request and
// gives the answer, both as src/ask/request.hpp has them. It knows no page: workers open it too.
async function openModule(compiled) {
  let memory;
  const nothing = () => 0;
  // What the compiler's library asks of a system. There are no files, no environment and no clock.
  const system = {
    environ_sizes_get(count, size) {
      new DataView(memory.buffer).setUint32(count, 0, true);
      new DataView(memory.buffer).setUint32(size, 0, true);
      return 0;
    },
    clock_time_get(id, precision, at) {
      new DataView(memory.buffer).setBigUint64(at, 0n, true);
      return 0;
    },
    proc_exit(code) { throw new Error('the module ended with ' + code); },
  };
  const imports = {};
  for (const {module, name} of WebAssembly.Module.imports(compiled)) {
    imports[module] = imports[module] || {};
    imports[module][name] = system[name] || nothing;
  }
  const {exports} = await WebAssembly.instantiate(compiled, imports);
  memory = exports.memory;
  exports._initialize();
  const ask = (request) => {
    const text = new TextEncoder().encode(JSON.stringify(request));
    const room = exports.blendrisk_room(text.length);
    new Uint8Array(memory.buffer, room, text.length).set(text);
    const from = exports.blendrisk_answer();
    const all = new Uint8Array(memory.buffer);
    return JSON.parse(new TextDecoder().decode(all.subarray(from, all.indexOf(0, from))));
  };
  ask.bytes = () => memory.buffer.byteLength;
  return ask;
}
