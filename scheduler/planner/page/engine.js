// The planner behind the page: a worker that runs one command at a time.

async function unpacked(base64) {
  const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Response(stream).arrayBuffer();
}

class Engine {
  #worker; #module; #waiting = new Map(); #next = 1;

  static async start() {
    const engine = new Engine();
    const text = (id) => document.getElementById(id).textContent;
    engine.#module = await WebAssembly.compile(await unpacked(text('planner-wasm').trim()));
    engine.#hire();
    return engine;
  }

  #hire() {
    const code = document.getElementById('planner-glue').textContent + '\n' + document.getElementById('planner-worker').textContent;
    this.#worker = new Worker(URL.createObjectURL(new Blob([code], {type: 'text/javascript'})));
    this.#worker.onmessage = ({data}) => {
      const answer = this.#waiting.get(data.id);
      this.#waiting.delete(data.id);
      answer?.(data);
    };
    this.#worker.postMessage({module: this.#module});
  }

  /// Exit code, what the command said and complained of, and the files below `out`.
  run(words, files = {}, out = []) {
    const id = this.#next++;
    return new Promise((done) => {
      this.#waiting.set(id, done);
      this.#worker.postMessage({id, words: ['ampturn', ...words], files, out, again: this.#module});
    });
  }

  /// Ends what runs; its answers are code -1.
  cancel() {
    this.#worker.terminate();
    for (const done of this.#waiting.values()) done({code: -1, said: '', complained: '', files: {}});
    this.#waiting.clear();
    this.#hire();
  }
}
