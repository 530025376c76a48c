/** Every public function with its parameters, as the declarations of the public entry have them. */
import { join } from "node:path";
import { PUBLIC_ENTRIES } from "./public_entries.ts";
import { PROJECT } from "./run_command.ts";

/** A parameter of a public function. */
export interface Parameter {
  /** Its name; empty where it is taken apart at once. */
  readonly name: string;
  /** Its type in letters, without `readonly`: `Score`, `Note[]`, `string | Uint8Array`. */
  readonly type: string;
  /** True where it may be left out. */
  readonly isOptional: boolean;
  /** True where it is a record of options. */
  readonly isOptions: boolean;
  /** Names of its fields, as far as they are declared; empty for anything but a record. */
  readonly fields: readonly string[];
}

/** A public function. */
export interface PublicFunction {
  readonly name: string;
  readonly parameters: readonly Parameter[];
}

/** What of `deno doc --json` is used here. */
interface TypeDoc {
  readonly kind: string;
  readonly repr?: string;
  // deno-lint-ignore no-explicit-any -- its form depends on the kind
  readonly value?: any;
}
interface FieldDoc {
  readonly name: string;
  readonly optional?: boolean;
  readonly tsType?: TypeDoc;
}
interface ParameterDoc extends FieldDoc {
  readonly kind: string;
  readonly left?: ParameterDoc;
}
/** What one entry exports. */
interface EntryDoc {
  readonly symbols: readonly { readonly name: string; readonly declarations: readonly Declaration[] }[];
}
interface Declaration {
  readonly kind: string;
  readonly def: {
    readonly params?: readonly ParameterDoc[];
    readonly properties?: readonly FieldDoc[];
    readonly extends?: readonly TypeDoc[];
    readonly tsType?: TypeDoc;
  };
}

/** Reads the declarations of all doors of the library. */
export async function publicFunctions(): Promise<readonly PublicFunction[]> {
  const { success, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["doc", "--json", ...PUBLIC_ENTRIES.map(({ path }) => join(PROJECT, path))],
    env: { NO_COLOR: "1" },
    stdout: "piped",
    stderr: "piped",
  }).output();
  if (!success) throw new Error(`the public entries cannot be read: ${new TextDecoder().decode(stderr)}`);
  const { nodes } = JSON.parse(new TextDecoder().decode(stdout)) as {
    readonly nodes: Readonly<Record<string, EntryDoc>>;
  };
  const declared = new Map<string, readonly Declaration[]>();
  for (const { symbols } of Object.values(nodes)) {
    for (const { name, declarations } of symbols) {
      // A name that two doors hand on is declared at one of them, and a reference at the other.
      const own = declarations.filter((d) => d.kind !== "reference");
      if (own.length > 0) declared.set(name, own);
    }
  }
  return [...declared].flatMap(([name, declarations]) =>
    declarations.filter((d) => d.kind === "function").map((d) => ({
      name,
      parameters: (d.def.params ?? []).map((p) => parameterOf(p, declared)),
    }))
  );
}

function parameterOf(doc: ParameterDoc, declared: ReadonlyMap<string, readonly Declaration[]>): Parameter {
  const named = doc.kind === "assign" ? doc.left! : doc;
  const type = doc.tsType ?? named.tsType;
  const name = named.name ?? "";
  return {
    name,
    type: lettersOf(type),
    isOptional: doc.kind === "assign" || (named.optional ?? false),
    isOptions: name === "" || name === "options",
    fields: fieldsOf(type, declared),
  };
}

/** A type in letters. */
function lettersOf(type: TypeDoc | undefined): string {
  if (type === undefined) return "";
  const { kind, value } = type;
  const all = (types: readonly TypeDoc[], between: string) => types.map(lettersOf).join(between);
  switch (kind) {
    case "typeRef":
      return `${value.typeName}${value.typeParams ? `<${all(value.typeParams, ", ")}>` : ""}`;
    case "keyword":
      return value;
    case "literal":
      return JSON.stringify(value.string ?? value.number ?? value.boolean);
    case "union":
      return all(value, " | ");
    case "intersection":
      return all(value, " & ");
    case "array":
      return `${lettersOf(value)}[]`;
    case "parenthesized":
      return `(${lettersOf(value)})`;
    case "typeOperator":
      return lettersOf(value.tsType);
    case "typeLiteral":
      return `{ ${
        value.properties.map((p: FieldDoc) => `${p.name}${p.optional ? "?" : ""}: ${lettersOf(p.tsType)}`)
          .join(", ")
      } }`;
    default:
      return kind;
  }
}

/** Names of a record's fields, with those it takes over from others. */
function fieldsOf(
  type: TypeDoc | undefined,
  declared: ReadonlyMap<string, readonly Declaration[]>,
): readonly string[] {
  if (type === undefined) return [];
  if (type.kind === "typeLiteral") return type.value.properties.map((p: FieldDoc) => p.name);
  if (type.kind === "intersection") return type.value.flatMap((t: TypeDoc) => fieldsOf(t, declared));
  if (type.kind !== "typeRef") return [];
  const { typeName, typeParams } = type.value;
  if (typeName === "Pick") {
    const names: readonly TypeDoc[] = typeParams[1].kind === "union" ? typeParams[1].value : [typeParams[1]];
    return names.map((n) => n.value.string);
  }
  return (declared.get(typeName) ?? []).flatMap((d) =>
    d.kind === "interface"
      ? [
        ...(d.def.properties ?? []).map((p) => p.name),
        ...(d.def.extends ?? []).flatMap((t) => fieldsOf(t, declared)),
      ]
      : d.kind === "typeAlias"
      ? fieldsOf(d.def.tsType, declared)
      : []
  );
}
