// Starts the documentation page: in a file of its own, so that the page needs no inline script.

// The filter looks at what an operation is called and does; Swagger UI's own looks at tags alone.
const filterOperations = (groups, phrase) => {
  const wanted = phrase.toLowerCase();
  const isWanted = (operation) =>
    [
      operation.get("method"),
      operation.get("path"),
      operation.getIn(["operation", "summary"]),
      operation.getIn(["operation", "operationId"]),
    ]
      .join(" ")
      .toLowerCase()
      .includes(wanted);
  return groups
    .map((group, name) =>
      name.toLowerCase().includes(wanted)
        ? group
        : group.update("operations", (operations) => operations.filter(isWanted)),
    )
    .filter((group) => group.get("operations").size > 0);
};

// A drawing is shown as one. Inside <img> it runs nothing and fetches nothing.
const showDrawings = (Original, system) => (props) => {
  const { createElement } = system.React;
  const isDrawing = (props.contentType || "").startsWith("image/svg+xml");
  if (!isDrawing || typeof props.content !== "string") {
    return createElement(Original, props);
  }
  const source = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(props.content)}`;
  return createElement(
    "div",
    null,
    createElement("img", { src: source, alt: "The drawing", className: "drawing" }),
    createElement(Original, { ...props, contentType: "application/xml" }),
  );
};

const targetOf = (spec, reference) =>
  reference
    .slice(2)
    .split("/")
    .map((part) => part.replaceAll("~1", "/").replaceAll("~0", "~"))
    .reduce((found, part) => found[part], spec);

// Returns part of the document with what it refers to in place. A schema within itself stays a reference.
const written = (spec, part, within = []) => {
  if (Array.isArray(part)) {
    return part.map((one) => written(spec, one, within));
  }
  if (part === null || typeof part !== "object") {
    return part;
  }
  const { $ref: reference, ...beside } = part;
  if (typeof reference === "string") {
    if (within.includes(reference)) {
      return part;
    }
    const found = written(spec, targetOf(spec, reference), [...within, reference]);
    const name = reference.startsWith("#/components/schemas/") ? { $$ref: reference } : {};
    return { ...found, ...name, ...beside };
  }
  return Object.fromEntries(Object.entries(part).map(([key, one]) => [key, written(spec, one, within)]));
};

// Swagger UI's own way goes through the whole document for each part, which takes seconds; this one is all local.
const resolveSubtree = async (spec, path) => ({
  spec: written(spec, path.reduce((found, part) => found?.[part], spec)),
  errors: [],
});

// What is said of a path is said of each of its operations: where Swagger UI looks for it.
const withParametersOfPaths = (spec) => {
  for (const { parameters = [], ...operations } of Object.values(spec.paths)) {
    for (const operation of Object.values(operations)) {
      operation.parameters = written(spec, [...parameters, ...(operation.parameters ?? [])]);
    }
  }
  for (const item of Object.values(spec.paths)) {
    delete item.parameters;
  }
  return spec;
};

const explainFilter = (Original, system) => (props) => {
  const { createElement } = system.React;
  const explain = (node) =>
    node?.querySelector("input")?.setAttribute("placeholder", "Filter by a word: train, curve, member");
  return createElement("div", { ref: explain }, createElement(Original, props));
};

const asWeWantIt = () => ({
  fn: { opsFilter: filterOperations, resolveSubtree },
  wrapComponents: { FilterContainer: explainFilter, responseBody: showDrawings },
});

// Read here: left to Swagger UI, the document would be parsed as YAML, which takes seconds.
const begin = async () => {
  const answer = await fetch("/openapi.json");
  window.ui = SwaggerUIBundle({
    spec: withParametersOfPaths(await answer.json()),
    dom_id: "#ui",
    deepLinking: true,
    persistAuthorization: false,
    presets: [SwaggerUIBundle.presets.apis],
    plugins: [asWeWantIt],
    layout: "BaseLayout",
    validatorUrl: null,
    // One group open at first: laying out all the operations at once takes a slow machine seconds.
    docExpansion: "none",
    onComplete: () => window.ui.layoutActions.show(["operations-tag", "Questions"], true),
    filter: true,
    defaultModelsExpandDepth: -1,
  });
};

window.addEventListener("load", begin);
