import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.fhirpath.IFhirPath;
import ca.uhn.fhir.fhirpath.IFhirPathEvaluationContext;
import ca.uhn.fhir.parser.IParser;
import ca.uhn.fhir.parser.StrictErrorHandler;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.hl7.fhir.instance.model.api.IBase;
import org.hl7.fhir.instance.model.api.IBaseResource;
import org.hl7.fhir.instance.model.api.IPrimitiveType;

/** Evaluates FHIRPath on resources; what is asked holds for all resources after it. */
final class Paths {
  private static final ObjectMapper JSON = new ObjectMapper();

  private final IParser parser;
  private final IFhirPath engine;
  private final Map<String, IFhirPath.IParsedExpression> parsed = new HashMap<>();
  private final Map<String, List<IBase>> environment = new HashMap<>();
  private JsonNode asked;

  Paths(FhirContext context) {
    parser = context.newJsonParser().setParserErrorHandler(new StrictErrorHandler());
    engine = context.newFhirPath();
    engine.setEvaluationContext(new IFhirPathEvaluationContext() {
      @Override
      public List<IBase> resolveConstant(Object resource, String name, ConstantEvaluationMode mode) {
        return environment.get(name.replaceFirst("^%", ""));
      }
    });
  }

  void ask(JsonNode asked) {
    this.asked = asked;
  }

  List<Object> answer(JsonNode given) {
    IBaseResource resource = parser.parseResource(given.toString());
    environment.clear();
    environment.put("resource", List.of(resource));
    environment.put("context", List.of(resource));
    for (JsonNode variable : asked.get("variables")) {
      String name = variable.get(0).asText();
      try {
        environment.put(name, evaluate(resource, variable.get(1).asText()));
      } catch (Exception refused) {
        return Collections.nCopies(asked.get("expressions").size(), "%" + name + ": " + refused);
      }
    }
    List<Object> results = new ArrayList<>();
    for (JsonNode expression : asked.get("expressions")) {
      try {
        results.add(evaluate(resource, expression.asText()).stream().map(this::value).toList());
      } catch (Exception refused) {
        results.add(refused.toString());
      }
    }
    return results;
  }

  private List<IBase> evaluate(IBaseResource resource, String expression) throws Exception {
    IFhirPath.IParsedExpression known = parsed.get(expression);
    if (known == null) {
      known = engine.parse(expression);
      parsed.put(expression, known);
    }
    return engine.evaluate(resource, known, IBase.class);
  }

  private Object value(IBase one) {
    if (one instanceof IPrimitiveType<?> primitive) {
      Object value = primitive.getValue();
      return value instanceof Boolean || value instanceof Integer || value instanceof BigDecimal
          ? value
          : primitive.getValueAsString();
    }
    try {
      return JSON.readTree(parser.encodeToString(one));
    } catch (Exception unprintable) {
      return Map.of("type", one.fhirType());
    }
  }
}
