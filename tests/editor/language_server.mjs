// A language server of YAML over stdio, as an editor speaks to it. Knows the protocol, nothing of books.

import { spawn } from 'node:child_process';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';

const modules = createRequire(import.meta.url);
const root = dirname(modules.resolve('yaml-language-server/package.json'));
const server = join(root, 'bin', 'yaml-language-server');

/** How long a server may take over one answer, milliseconds. */
const PATIENCE = 60_000;

export class LanguageServer {
  #process;
  #next = 1;
  #waiting = new Map();
  #diagnoses = new Map();
  #unread = Buffer.alloc(0);
  #settings;

  /** Starts the server for books that follow the schema in a file. */
  static async start(schema) {
    const editor = new LanguageServer();
    const yaml = {
      schemas: { [pathToFileURL(schema).href]: '*.yaml' },
      schemaStore: { enable: false },
      validate: true,
      completion: true,
      hover: true,
      yamlVersion: '1.2',
    };
    editor.#settings = { yaml };
    editor.#process = spawn(process.execPath, [server, '--stdio'], { stdio: ['pipe', 'pipe', 'inherit'] });
    editor.#process.stdout.on('data', (data) => editor.#read(data));
    await editor.ask('initialize', {
      processId: process.pid,
      rootUri: null,
      capabilities: {
        workspace: { configuration: true, didChangeConfiguration: { dynamicRegistration: true } },
        textDocument: { completion: { completionItem: { snippetSupport: false } }, hover: {} },
      },
    });
    editor.#tell('initialized', {});
    editor.#tell('workspace/didChangeConfiguration', { settings: editor.#settings });
    return editor;
  }

  /** Opens a text under a name, and gives what the server finds in it. */
  async diagnose(uri, text) {
    const found = new Promise((resolve, reject) => {
      this.#diagnoses.set(uri, resolve);
      setTimeout(() => reject(new Error(`no word on ${uri}`)), PATIENCE).unref();
    });
    this.#tell('textDocument/didOpen', { textDocument: { uri, languageId: 'yaml', version: 1, text } });
    const diagnostics = await found;
    this.#tell('textDocument/didClose', { textDocument: { uri } });
    return diagnostics;
  }

  /** What the server offers, or says, at the place in the text where `|` stands. */
  async at(method, uri, text) {
    const place = text.indexOf('|');
    const before = text.slice(0, place).split('\n');
    const position = { line: before.length - 1, character: before.at(-1).length };
    const whole = text.slice(0, place) + text.slice(place + 1);
    this.#tell('textDocument/didOpen', { textDocument: { uri, languageId: 'yaml', version: 1, text: whole } });
    const answer = await this.ask(method, { textDocument: { uri }, position });
    this.#tell('textDocument/didClose', { textDocument: { uri } });
    return answer;
  }

  ask(method, params) {
    const id = this.#next++;
    this.#send({ id, method, params });
    return new Promise((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject });
      setTimeout(() => reject(new Error(`no answer to ${method}`)), PATIENCE).unref();
    });
  }

  stop() {
    this.#process.kill();
  }

  #tell(method, params) {
    this.#send({ method, params });
  }

  #send(message) {
    const body = Buffer.from(JSON.stringify({ jsonrpc: '2.0', ...message }));
    this.#process.stdin.write(`Content-Length: ${body.length}\r\n\r\n`);
    this.#process.stdin.write(body);
  }

  #read(data) {
    this.#unread = Buffer.concat([this.#unread, data]);
    for (;;) {
      const end = this.#unread.indexOf('\r\n\r\n');
      if (end < 0) return;
      const length = Number(/Content-Length: (\d+)/i.exec(this.#unread.toString('ascii', 0, end))[1]);
      if (this.#unread.length < end + 4 + length) return;
      const message = JSON.parse(this.#unread.toString('utf8', end + 4, end + 4 + length));
      this.#unread = this.#unread.subarray(end + 4 + length);
      this.#take(message);
    }
  }

  #take(message) {
    if (message.method === 'workspace/configuration') {
      const result = message.params.items.map(({ section }) => this.#settings[section] ?? null);
      this.#send({ id: message.id, result });
    } else if (message.method === 'textDocument/publishDiagnostics') {
      const { uri, diagnostics } = message.params;
      this.#diagnoses.get(uri)?.(diagnostics);
      this.#diagnoses.delete(uri);
    } else if (message.method && message.id !== undefined) {
      this.#send({ id: message.id, result: null });
    } else if (this.#waiting.has(message.id)) {
      const { resolve, reject } = this.#waiting.get(message.id);
      this.#waiting.delete(message.id);
      if (message.error) reject(new Error(message.error.message));
      else resolve(message.result);
    }
  }
}
